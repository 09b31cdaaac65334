-- One row: a visit (report x deck) with what case mix is made of. visit: a number from 1 in order of report and deck,
-- the same as in visit_trials.sql for the same filters. Null age: not known; a blank region or builder is 'unknown'.
-- season: the quarter of the year, 1 to 4.
-- The eight filters: null means no condition.
with chosen as (
  select
    *,
    dense_rank() over (order by report_id, deck_id) as visit
  from trials
  where true
    /* within.sql */
)
select
  visit,
  any_value(report_id) as report_id,
  any_value(deck_id) as deck_id,
  any_value(inspector_id) as inspector_id,
  any_value(inspected_on) as inspected_on,
  any_value(region) as region,
  any_value(builder) as builder,
  any_value(deck_age) as deck_age,
  any_value(deck_age_years) as deck_age_years,
  coalesce(any_value(age_estimated), false) as age_estimated,
  any_value(deck_height) as deck_height,
  quarter(any_value(inspected_on))::integer as season
from chosen
group by visit
order by visit
