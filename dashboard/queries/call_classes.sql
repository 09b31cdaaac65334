-- One row: an inspector x topic x call (written_up, referred, or other), over seen trials that the rule does not leave to
-- the inspector: how many, how many of them judged without a random second look and with a defect, and how many known by
-- a random look alone and with a defect.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with /* verified.sql */
select
  inspector_id,
  topic,
  case when call in ('written_up', 'referred') then call else 'other' end as call,
  count(*) as trials,
  count(truth) filter (where not by_look) as judged,
  count(*) filter (where truth = 'defect' and not by_look) as defects,
  count(truth) filter (where by_look) as looked,
  count(*) filter (where truth = 'defect' and by_look) as looked_defects
from verified
group by all
order by all
