-- This load, one row.
create or replace temp table coming as
select $load_id::varchar as load_id, $loaded_at::timestamp as loaded_at, $mend::boolean as mend
