-- One row: how many seen trials there are, and the first and last day of all trials; the days are null without trials.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
select count(*) filter (where seen) as calls, min(inspected_on) as first_day, max(inspected_on) as last_day
from trials
where true
    /* within.sql */
