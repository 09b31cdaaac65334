-- One row: a file of a load, newest load first. problem is null where the file was read. No parameters.
select load_id, file, rows_read, rows_loaded, rows_replaced, rows_unchanged, rows_rejected, loaded_at, sha256, problem
from loads
order by loaded_at desc, load_id desc, file
