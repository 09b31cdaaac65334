-- One row: an inspector x topic x region x season (quarter), with all trials and those of them not seen.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
select
  inspector_id,
  topic,
  region,
  quarter(inspected_on)::integer as season,
  count(*) as trials,
  count(*) filter (where not seen) as not_seen
from trials
where true
    /* within.sql */
group by all
order by all
