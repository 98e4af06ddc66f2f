-- Rows as they were right after step 10.
insert into quote_papers (quote_id, revision, sha256, content, at) values ({id 1}, 1, '9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08', {id 9}, 1764000005000000);
