-- A report of the load: new, replaced (there already with other content) or unchanged, and its new version's number.
-- incoming_rows: the load's rows by the contract; current_rows: the same reports' rows in the warehouse;
-- differing_rows: rows that come with other content than they have there, or are not there.
create or replace temp table report_status as
with differing as (
    select report_id from differing_rows
    union
    select report_id from current_rows anti join incoming_rows using (report_id, observation_no)
)
select
    report_id,
    case
        when reports.report_id is null then 'new'
        when differing.report_id is null then 'unchanged'
        else 'replaced'
    end as status,
    coalesce(reports.version, 0) + 1 as version
from (select distinct report_id from staged) as came
left join reports using (report_id)
left join differing using (report_id)
