-- Rows as they were right after step 6.
insert into price_lists (id, name, supplier, currency, state, effective_on, version, created_at, published_at) values ({id 60}, 'Breaks', 'S', 'USD', 'draft', '2026-05-01', 1, 1764000000000000, null);
insert into price_items (list_id, code, kind, text, unit, price, stick, breaks) values ({id 60}, 'cap-2', 'fitting', 'cap', 'each', '6.10', null, '50: 5.20; 200: 4.90');
