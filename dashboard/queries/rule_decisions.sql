-- One row: a rule that decided, over seen trials (report x deck x topic) in which it settled at least one place.
-- defect, judgment and acceptable add up to decided: by one rule a trial is a defect if any place is, else left to the
-- inspector if any is, else acceptable. A trial whose places were settled by two rules counts under both.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with settled as (
  select
    criterion_id,
    bool_or(verdict = 'defect') as defect,
    bool_or(verdict = 'judgment') as judgment
  from outcomes
  where call <> 'not_seen' and verdict in ('defect', 'acceptable', 'judgment') and criterion_id is not null
    /* within.sql */
  group by criterion_id, report_id, deck_id, topic
)
select
  criterion_id,
  count(*) as decided,
  count(*) filter (where defect) as defect,
  count(*) filter (where not defect and not judgment) as acceptable,
  count(*) filter (where judgment and not defect) as judgment
from settled
group by criterion_id
