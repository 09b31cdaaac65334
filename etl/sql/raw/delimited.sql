-- A clean delimited file's rows into received, as text, in file order. A file with anything odd raises; it is then read
-- row by row. Columns that the contract does not know are called 'unknown …' and stay out.
-- $file_no: the file; $path, $delimiter: of the file; $columns: a struct of its columns, each 'VARCHAR'.
-- auto_detect is left to find the line end alone: told it (or not to look), DuckDB 2.0.1 reads no row of a CRLF file.
insert into received by name
select
    $file_no as file_no, false as document,
    columns(lambda name: not starts_with(name, 'unknown '))
from read_csv(
    $path, delim = $delimiter, columns = $columns,
    header = true, skip = 0, quote = '"', escape = '"', comment = '', strict_mode = true, auto_detect = true
)
