-- One row: a topic x call (written_up, referred, or other), over looks, with what is known of the deck as it stood from any
-- look at it ($most_days: see deck_states.sql). The columns are those of call_classes.sql.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with /* deck_states.sql */
select
  topic,
  case when call in ('written_up', 'referred') then call else 'other' end as call,
  count(*) as trials,
  count(known) filter (where not by_look) as judged,
  count(*) filter (where known = 'defect' and not by_look) as defects,
  count(known) filter (where by_look) as looked,
  count(*) filter (where known = 'defect' and by_look) as looked_defects
from looks
group by all
order by all
