-- A row of a document that pydantic refused.
insert into rejected by name
select
    $raw_id as raw_id, $file_no as file_no, $row_no as row_no, $report_id as report_id,
    $observation_no as observation_no, $reasons as reasons
