-- A file of the load, or a sheet of it: $file as given, $shown with its sheet, $first the rowid of its first row.
insert into files values ($file_no, $file, $shown, $first, $sha256, $problem)
