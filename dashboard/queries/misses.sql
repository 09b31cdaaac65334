-- One row: a topic x what was recorded, over trials with a passed or advised row of that kind. Topics without a rule
-- are left out. A trial is judged if any of those rows is. It is missed, or understated, if a row of that kind is, and
-- no row of the trial is upheld: the same fault is then written up elsewhere. Where it was both passed at one place and
-- advised at another it counts once, as understated. recorded is 'not recorded' where nothing decisive was.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with passed_trials as (
  select
    topic,
    coalesce(recorded, 'not recorded') as recorded,
    report_id,
    deck_id,
    any_value(inspector_id) as inspector_id,
    any_value(inspected_on) as inspected_on,
    bool_or(call = 'passed') as passed,
    bool_or(call = 'advised') as advised,
    bool_or(counted_outcome in ('missed', 'understated', 'cleared')) as judged,
    bool_or(counted_outcome = 'missed') as missed,
    bool_or(counted_outcome = 'understated') as understated
  from outcomes
  where call in ('passed', 'advised') and topic not in (select topic from topics where not judged)
    /* within.sql */
  group by topic, coalesce(recorded, 'not recorded'), report_id, deck_id
),
counted as (
  select
    passed_trials.* exclude (missed, understated),
    passed_trials.understated and not trials.upheld as understated,
    passed_trials.missed and not passed_trials.understated and not trials.upheld as missed
  from passed_trials
  join trials using (report_id, deck_id, topic)
)
select
  topic,
  recorded,
  count(*) filter (where passed) as passed,
  count(*) filter (where advised) as advised,
  count(*) as trials,
  count(*) filter (where judged) as judged,
  count(*) filter (where missed) as missed,
  count(*) filter (where understated) as understated,
  count(distinct inspector_id) as inspectors,
  count(distinct inspector_id) filter (where missed or understated) as inspectors_missed,
  count(distinct deck_id) as decks,
  min(inspected_on) as first_seen,
  max(inspected_on) as last_seen
from counted
group by topic, recorded
