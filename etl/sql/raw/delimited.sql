-- A clean delimited file's rows into received, as text, in file order. A file with anything odd raises; it is then read
-- row by row. Columns that the contract does not know are called 'unknown …' and stay out.
-- $file_no: the file; $path, $delimiter, $newline: of the file; $columns: a struct of its columns, each 'VARCHAR'.
insert into received by name
select
    $file_no as file_no, false as document,
    columns(lambda name: not starts_with(name, 'unknown '))
from read_csv(
    $path, delim = $delimiter, new_line = $newline, columns = $columns,
    header = true, quote = '"', escape = '"', strict_mode = true, auto_detect = false
)
