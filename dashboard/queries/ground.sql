-- One row: an inspector x region or an inspector x builder, with the visits (report x deck, something seen) made there.
-- by: region or builder; group: its name. own: all visits of the inspector. people: inspectors who made a visit there.
-- A region or builder that is not known is left out.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with visits as (
  select distinct
    report_id,
    deck_id,
    inspector_id,
    region,
    builder
  from trials
  where seen
    /* within.sql */
),
owned as (
  select
    *,
    count(*) over (partition by inspector_id) as own
  from visits
),
groups as (
  select inspector_id, 'region' as "by", region as "group", own, count(*) as visits from owned group by all
  union all
  select inspector_id, 'builder' as "by", builder as "group", own, count(*) as visits from owned group by all
)
select
  *,
  count(*) over (partition by "by", "group") as people
from groups
where "group" <> 'unknown'
order by inspector_id, "by" desc, "group"
