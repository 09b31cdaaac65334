-- A refused row of an earlier load, of one further table: its rowid, file and row, whether it is the newest that stood
-- there (two loads may have had a file of that name), and what was received. $input_table: the further table.
select
    rowid, file, row, load_id = max(load_id) over (partition by file, row) as newest, received
from refused
where input_table = $input_table and load_id <> (select load_id from coming)
