-- One row: a table of the snapshot, by name; what came with a later version may not be there. No parameters.
select table_name as name
from duckdb_tables()
