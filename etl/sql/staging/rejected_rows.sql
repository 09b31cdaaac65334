-- A refused row of the load: file, row (as a spreadsheet counts, the header being row 1), reasons, and what was received.
select
    files.shown as file,
    coalesce(rejected.row_no, received.row_no, received.rowid - files.first_rowid + 2) as row,
    coalesce(rejected.report_id, received.report_id) as report_id,
    coalesce(rejected.observation_no, received.observation_no) as observation_no,
    rejected.reasons,
    coalesce(rejected.received, received.cells) as received,
    rejected.input_table
from rejected
inner join files using (file_no)
left join received_cells as received on rejected.raw_id = received.rowid
order by rejected.file_no, row
