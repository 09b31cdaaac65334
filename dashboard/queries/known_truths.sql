-- One row: a topic, over decks as they stood ($most_days: see deck_states.sql): how many, of how many the truth is known
-- and is a defect or acceptable, and how many three inspectors or more looked at.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with /* deck_states.sql */
select
  topic,
  count(*) as decks,
  count(known) as known_decks,
  count(*) filter (where known = 'defect') as defects,
  count(*) filter (where known = 'acceptable') as sound,
  count(*) filter (where inspectors >= 3) as three_looks
from states
group by topic
order by topic
