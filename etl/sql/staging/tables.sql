-- The work tables of one load; they live as long as its connection.
-- received: a row as it came, as text; columns of the contract are added as files bring them.
--   row_no is null where DuckDB read the file itself: the row is then counted from the file's first rowid.
--   mended_file, mended_row: where a row stood that was refused and comes back mended, else null.
create temp table received (
    file_no integer, row_no bigint, document boolean, mended_file varchar, mended_row varchar
);

-- files: a file of the load, or a sheet of it. problem: why the whole file was refused, else null.
create temp table files (
    file_no integer, file varchar, shown varchar, first_rowid bigint, sha256 varchar, problem varchar
);

-- rejected: a refused row. raw_id is its rowid in received, null where it could not be taken apart, and in rows of further
-- tables (input_table), which name no report here.
create temp table rejected (
    raw_id bigint, file_no integer, row_no bigint, report_id varchar, observation_no varchar,
    reasons varchar [], received map (varchar, varchar), input_table varchar default 'observations'
);

-- further_counted: a row of a further table that was not refused, and what became of it: new, replaced or unchanged.
create temp table further_counted (file_no integer, status varchar);
