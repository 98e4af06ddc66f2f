-- Rows as they were right after step 5.
insert into offcuts (id, tube, temper, length_nm, label, state, job, version, created_at, changed_at) values ({id 40}, 'b88-l-2', 'drawn', 800100000, 'R-17', 'available', null, 1, 1764000000000000, 1764000000000000);
insert into offcuts (id, tube, temper, length_nm, label, state, job, version, created_at, changed_at) values ({id 41}, 'b88-l-2', 'drawn', 600000000, '', 'reserved', 'J-1', 2, 1764000000000000, 1764000001000000);
insert into offcut_moves (offcut_id, version, made, job, length_nm, at) values ({id 40}, 1, 'add', null, 800100000, 1764000000000000);
insert into offcut_moves (offcut_id, version, made, job, length_nm, at) values ({id 41}, 1, 'add', null, 600000000, 1764000000000000);
insert into offcut_moves (offcut_id, version, made, job, length_nm, at) values ({id 41}, 2, 'reserve', 'J-1', 600000000, 1764000001000000);
