-- One row: a topic x inspector x kind of wrong call, over the seen trials of the call that it can be wrong in: written up
-- (overcalled), passed (missed), advised (understated). trials: all of the call. judged: those that a rule or a random
-- second look decided. wrong: of those; wrong_by_eye: of these, decided by a second look and by
-- no measure; wrong_by_sentence: not by eye, and written up with one of $sentences (stock_key.sql). weight: summed over
-- the wrong ones, that of the weightiest rule broken.
-- recent: trials of the last 365 days before the newest inspection; days: how many of these days the reports cover.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with chosen as (
  select
    report_id,
    deck_id,
    topic,
    inspector_id,
    inspected_on,
    case call when 'written_up' then 'overcalled' when 'passed' then 'missed' when 'advised' then 'understated' end as kind,
    case when call = 'written_up' then upheld or overcalled else judged end as judged,
    case call when 'written_up' then overcalled when 'passed' then missed else missed or understated end as wrong
  from trials
  where seen and call in ('written_up', 'passed', 'advised')
    /* within.sql */
),
wrong_places as (
  select report_id, deck_id, topic, basis, criterion_id, /* stock_key.sql */ as sentence_id
  from (select *, /* stock_text.sql */ as text from outcomes)
  where counted_outcome in ('overcalled', 'missed', 'understated')
),
wrong_rows as (
  select
    report_id,
    deck_id,
    wrong_places.topic,
    bool_and(basis = 'second_look') as by_eye,
    bool_or(list_contains($sentences::varchar[], sentence_id)) as by_sentence,
    max(coalesce(criteria.weight, topics.weight, 1)) as weight
  from wrong_places
  left join criteria using (criterion_id)
  left join topics on wrong_places.topic = topics.topic
  group by all
),
newest as (
  select max(inspected_on) as last_day, least(365, max(inspected_on) - min(inspected_on) + 1) as days
  from chosen
)
select
  chosen.topic,
  inspector_id,
  kind,
  count(*) as trials,
  count(*) filter (where judged) as judged,
  count(*) filter (where judged and wrong) as wrong,
  count(*) filter (where judged and wrong and by_eye) as wrong_by_eye,
  count(*) filter (where judged and wrong and not by_eye and by_sentence) as wrong_by_sentence,
  coalesce(sum(weight) filter (where judged and wrong), 0)::double as weight,
  count(*) filter (where inspected_on > last_day - 365) as recent,
  any_value(days) as days
from chosen
left join wrong_rows using (report_id, deck_id, topic)
cross join newest
group by all
order by all
