-- One row: a joist size x hanger size of the topic hanger_size, over trials that have a seen row with that pair.
-- A size is null where it was not recorded. upheld, overcalled, judgment and undecided add up to written_up: a trial is
-- overcalled if any of its written-up rows with that pair is, else upheld if any is, else judgment, else undecided.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with sizes as (
  select observation_id, joist_nominal, hanger_nominal
  from observations
  where topic = 'hanger_size'
),
pair_trials as (
  select
    joist_nominal,
    hanger_nominal,
    report_id,
    deck_id,
    bool_or(call = 'written_up') as written_up,
    coalesce(bool_or(outcome = 'overcalled') filter (where call = 'written_up'), false) as overcalled,
    coalesce(bool_or(outcome = 'upheld') filter (where call = 'written_up'), false) as upheld,
    coalesce(bool_or(outcome = 'judgment') filter (where call = 'written_up'), false) as judgment
  from outcomes
  join sizes using (observation_id)
  where topic = 'hanger_size' and call <> 'not_seen'
    /* within.sql */
  group by joist_nominal, hanger_nominal, report_id, deck_id
)
select
  joist_nominal,
  hanger_nominal,
  count(*) as trials,
  count(*) filter (where written_up) as written_up,
  count(*) filter (where upheld and not overcalled) as upheld,
  count(*) filter (where overcalled) as overcalled,
  count(*) filter (where written_up and judgment and not upheld and not overcalled) as judgment,
  count(*) filter (where written_up and not judgment and not upheld and not overcalled) as undecided
from pair_trials
group by joist_nominal, hanger_nominal
order by joist_nominal nulls last, hanger_nominal nulls last
