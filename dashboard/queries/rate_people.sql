-- One row: a topic x group over seen trials: how many inspectors and decks are behind it, and how many inspectors are
-- behind all other groups together.
-- $by: what the decks are grouped by: deck_age, builder, region or deck_height.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with looked as (
  select
    topic,
    case $by
      when 'deck_age' then deck_age
      when 'builder' then builder
      when 'region' then region
      when 'deck_height' then deck_height
    end as "group",
    inspector_id,
    deck_id
  from trials
  where seen
    /* within.sql */
),
groups_of_inspector as (
  select topic, "group", inspector_id, count(*) over (partition by topic, inspector_id) as n_groups
  from (select distinct topic, "group", inspector_id from looked)
),
inspectors_of as (
  select topic, "group", count(*) as inspectors, count(*) filter (where n_groups = 1) as only_here
  from groups_of_inspector
  group by all
),
everybody as (
  select topic, count(distinct inspector_id) as n from looked group by topic
),
decks_of as (
  select topic, "group", count(distinct deck_id) as decks from looked group by all
)
select topic, "group", inspectors, n - only_here as other_inspectors, decks
from inspectors_of
inner join everybody using (topic)
inner join decks_of using (topic, "group")
