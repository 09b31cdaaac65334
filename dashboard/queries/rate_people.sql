-- One row: a topic x group over seen trials: how many inspectors and decks are behind it.
-- $by: what the decks are grouped by: deck_age, builder, region or deck_height.
-- The seven filters: null means no condition; a blank region, builder or age is the text 'unknown'.
select
  topic,
  case $by
    when 'deck_age' then deck_age
    when 'builder' then builder
    when 'region' then region
    when 'deck_height' then deck_height
  end as "group",
  count(distinct inspector_id) as inspectors,
  count(distinct deck_id) as decks
from trials
where seen
    /* within.sql */
group by all
