-- The tables of a warehouse, made empty when it is founded. recorded, the observations as stored, is made from the
-- contract (tables.py), since it grows by the measures that reports bring.

-- reports: a report. version counts its contents, from 1; incomplete: rows of it are still refused.
create table reports (
    report_id varchar, inspected_on date, inspector_id varchar, region varchar, property_id varchar, code_basis varchar,
    version integer, load_id varchar, loaded_at timestamp, rows_refused integer, incomplete boolean
);

-- loads: a file of a load. problem: why the whole file was refused, null where it was read.
create table loads (
    load_id varchar, file varchar, rows_read bigint, rows_loaded bigint, rows_replaced bigint, rows_unchanged bigint,
    rows_rejected bigint, loaded_at timestamp, sha256 varchar, problem varchar
);

-- refused: a refused row that has not been mended yet, with what was received. report_id and observation_no are null in
-- rows of further tables: no report lacks them.
create table refused (
    load_id varchar, file varchar, row bigint, report_id varchar, observation_no varchar,
    reasons varchar [], received map (varchar, varchar), input_table varchar default 'observations'
);
