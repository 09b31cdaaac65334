-- One row: a column of a further input table, as it is loaded, in the order of its table. No parameters.
select table_name as input_table, column_name
from duckdb_columns()
where table_name in ('second_looks', 'rounds', 'sessions', 'staff')
  and not (table_name = 'second_looks' and column_name = 'observation_id')
order by list_position(['second_looks', 'rounds', 'sessions', 'staff'], table_name), column_index
