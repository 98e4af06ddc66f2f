-- Rows as they were right after step 7.
insert into link_tokens (id, hash, purpose, quote_id, revision, label, made_by, created_at, expires_at, revoked_at) values ({id 70}, 'cc', 'quote_page', {id 1}, 1, 'R. Ashdown', {id 1}, 1764000000000000, 1768000000000000, null);
insert into link_tokens (id, hash, purpose, quote_id, revision, label, made_by, created_at, expires_at, revoked_at) values ({id 71}, 'dd', 'quote_page', {id 1}, null, '', {id 1}, 1764000000000000, 1768000000000000, 1764000001000000);
insert into link_events (id, link_id, what, name, detail, at) values ({id 72}, {id 70}, 'viewed', '', '', 1764000002000000);
