-- Rows as they were right after step 12.
insert into shop_files (digest, media_type, content, at) values ('a0', 'image/svg+xml', {id 90}, 1764000000000000);
