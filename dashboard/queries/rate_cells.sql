-- One row: a grouping x topic x group x deck age x call class (written up, or any other call), over seen trials.
-- trials, judged and defects count report x deck x topic, never rows.
-- by: what the decks are grouped by: deck_age, builder, region or deck_height. No group is null: a blank is 'unknown'.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with counted as (
  -- Counted once for all groupings: what follows adds up some thousand counts instead of every trial.
  select
    topic,
    call = 'written_up' as written_up,
    deck_age,
    builder,
    region,
    deck_height,
    count(*) as trials,
    count(*) filter (where judged) as judged,
    count(*) filter (where defect) as defects
  from trials
  where seen
    /* within.sql */
  group by all
)
select
  /* grouping_columns.sql */
  topic,
  deck_age,
  written_up,
  sum(trials)::bigint as trials,
  sum(judged)::bigint as judged,
  sum(defects)::bigint as defects
from counted
group by grouping sets (
  (topic, written_up, deck_age),
  (topic, written_up, deck_age, builder),
  (topic, written_up, deck_age, region),
  (topic, written_up, deck_age, deck_height)
)
