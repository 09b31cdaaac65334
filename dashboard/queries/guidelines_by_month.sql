-- One row: a month x guideline that its reports name, with how many do. code_basis is null where none is named.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
select date_trunc('month', inspected_on)::date as month, code_basis, count(*) as reports
from reports
semi join (
  select report_id
  from trials
  where true
    /* within.sql */
) using (report_id)
group by all
order by month, reports desc, code_basis
