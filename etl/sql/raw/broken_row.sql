-- A row that could not be taken apart, with the cells that there were.
insert into rejected by name
select
    $file_no as file_no, $row_no as row_no, $report_id as report_id, $observation_no as observation_no,
    $reasons as reasons, map($names::varchar [], $cells::varchar []) as received, $input_table as input_table
