-- One row: a report that lacks rows, since they are still refused. file names its files, joined by a semicolon.
-- observations is how many rows of it are loaded; where it is 0 nothing of the report is there, and inspected_on and
-- inspector_id are null. Refused rows that name no report are in no row. No parameters.
with lacking as (
  select report_id, count(*) as rows_refused, string_agg(distinct file, '; ' order by file) as file
  from refused
  where report_id is not null
  group by report_id
),
loaded as (
  select report_id, sum(rows) as observations
  from trials
  where report_id in (select report_id from lacking)
  group by report_id
)
select
  report_id,
  reports.inspected_on,
  reports.inspector_id,
  lacking.rows_refused,
  coalesce(loaded.observations, 0)::bigint as observations,
  lacking.file
from lacking
left join reports using (report_id)
left join loaded using (report_id)
order by reports.inspected_on desc nulls last, report_id
