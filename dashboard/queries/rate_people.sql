-- One row: a grouping x topic x group over seen trials: how many inspectors and decks are behind it, and how many
-- inspectors are behind all other groups together.
-- by: what the decks are grouped by: deck_age, builder, region or deck_height. No group is null: a blank is 'unknown'.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with counted as (
  -- Counted once for all groupings. A deck that stands in one report has one trial of a topic.
  select topic, inspector_id, deck_age, builder, region, deck_height, count(*) filter (where not revisited) as decks
  from trials
  where seen
    /* within.sql */
  group by all
),
of_inspector as (
  select
    /* grouping_columns.sql */
    topic,
    inspector_id,
    sum(decks) as decks
  from counted
  group by grouping sets (
    (topic, inspector_id, deck_age), (topic, inspector_id, builder), (topic, inspector_id, region),
    (topic, inspector_id, deck_height)
  )
),
-- Only decks that stand in several reports have to be told apart by name.
revisited_decks as (
  select
    /* grouping_columns.sql */
    topic,
    count(distinct deck_id) as decks
  from trials
  where seen and revisited
    /* within.sql */
  group by grouping sets ((topic, deck_age), (topic, builder), (topic, region), (topic, deck_height))
),
behind as (
  select
    "by",
    topic,
    "group",
    count(*) as inspectors,
    count(*) filter (where n_groups = 1) as only_here,
    sum(decks)::bigint as decks
  from (select *, count(*) over (partition by "by", topic, inspector_id) as n_groups from of_inspector)
  group by all
),
everybody as (
  select "by", topic, count(distinct inspector_id) as n from of_inspector group by all
)
select
  "by",
  topic,
  "group",
  inspectors,
  n - only_here as other_inspectors,
  behind.decks + coalesce(revisited_decks.decks, 0) as decks
from behind
inner join everybody using ("by", topic)
left join revisited_decks using ("by", topic, "group")
