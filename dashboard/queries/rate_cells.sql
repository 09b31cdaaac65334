-- One row: a topic x group x deck age x call class (written up, or any other call), over seen trials.
-- trials, judged and defects count report x deck x topic, never rows.
-- $by: what the decks are grouped by: deck_age, builder, region or deck_height.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
select
  topic,
  case $by
    when 'deck_age' then deck_age
    when 'builder' then builder
    when 'region' then region
    when 'deck_height' then deck_height
  end as "group",
  deck_age,
  call = 'written_up' as written_up,
  count(*) as trials,
  count(*) filter (where judged) as judged,
  count(*) filter (where defect) as defects
from trials
where seen
    /* within.sql */
group by all
