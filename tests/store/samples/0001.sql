-- Rows as they were right after step 1. One statement a row, each beginning its own line. Never changed afterwards.
insert into api_keys (id, label, scopes, hash, created_at, revoked_at) values ({id 1}, 'office', 'check estimate', 'aa', 1764000000000000, null);
insert into api_keys (id, label, scopes, hash, created_at, revoked_at) values ({id 2}, 'old office', 'admin', 'bb', 1764000000000000, 1764000001000000);
insert into replays (key_id, operation, idempotency_key, claim_id, fingerprint, state, claimed_at, expires_at) values ({id 1}, 'create_quote', 'k-1', {id 3}, 'f', 'running', 1764000000000000, 1765000000000000);
