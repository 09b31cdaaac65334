-- A catalog that judges from now on: the newest one that the table tells is another.
-- $catalog: its version; $code_basis: the firm's guideline; $load_id, $at: the load that judges by it, and when.
insert into catalogs
select $catalog::varchar, $code_basis::varchar, $load_id::varchar, $at::timestamp
where $catalog::varchar is distinct from (select max_by(catalog, load_id) from catalogs);
