-- The rows of the reports that are new or replaced, each with its observation_id.
create or replace temp view arriving as
select report_id || ':' || observation_no as observation_id, staged.* exclude (raw_id, file_no)
from staged
semi join (select report_id from report_status where status <> 'unchanged') as changed using (report_id)
