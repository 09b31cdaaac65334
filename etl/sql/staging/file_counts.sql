-- A file of the load (its sheets together): its rows, each counted once.
with counted as (
    select staged.file_no, report_status.status
    from staged inner join report_status using (report_id) where staged.raw_id is not null
    union all
    select file_no, 'unchanged' as status from set_aside
    union all
    select file_no, status from further_counted
    union all
    select file_no, 'rejected' as status from rejected
)
select
    min(files.file_no) as file_no,
    files.file,
    count(counted.status) as rows_read,
    count(*) filter (where counted.status = 'new') as rows_loaded,
    count(*) filter (where counted.status = 'replaced') as rows_replaced,
    count(*) filter (where counted.status = 'unchanged') as rows_unchanged,
    count(*) filter (where counted.status = 'rejected') as rows_rejected,
    any_value(files.sha256) as sha256,
    any_value(files.problem) as problem
from files
left join counted using (file_no)
group by files.file
order by file_no
