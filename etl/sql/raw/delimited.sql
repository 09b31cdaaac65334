-- A delimited file's rows as text, in file order. A file with anything odd raises; it is then read row by row.
-- $path, $delimiter, $newline: of the file; $columns: a struct of its header's names, each 'VARCHAR'.
select * from read_csv(
    $path, delim = $delimiter, new_line = $newline, columns = $columns,
    header = true, quote = '"', escape = '"', strict_mode = true, auto_detect = false
)
