-- One row: a row that is still refused, in the order of its file. reasons is a list; received holds what was filled in,
-- by column; report_id and observation_no are null where the row does not name them, and in rows of further tables.
-- input_table: observations, or the further table. No parameters.
select file, row, report_id, observation_no, reasons, received, input_table
from refused
order by file, row, report_id, observation_no
