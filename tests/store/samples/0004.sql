-- Rows as they were right after step 4.
insert into forming_profiles (id, version, name, body, changed_at) values ('shop', 1, 'Bench press', '{"form": 1}', 1764000000000000);
insert into forming_profiles (id, version, name, body, changed_at) values ('shop', 2, 'Bench press', '{"form": 1}', 1764000001000000);
