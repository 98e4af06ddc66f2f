-- Rows as they were right after step 8.
insert into webhooks (id, url, label, kinds, secret, old_secret, old_until, disabled, created_at) values ({id 80}, 'https://books.example/in', 'Books', 'quote.accepted', 'whsec_AQ==', null, null, null, 1764000000000000);
insert into notices (id, kind, body, created_at) values ({id 81}, 'quote.accepted', '{}', 1764000001000000);
insert into deliveries (notice_id, webhook_id, state, tries, next_at) values ({id 81}, {id 80}, 'waiting', 1, 1764000006000000);
insert into delivery_tries (id, notice_id, webhook_id, at, status, detail) values ({id 82}, {id 81}, {id 80}, 1764000002000000, 503, 'refused, 503');
