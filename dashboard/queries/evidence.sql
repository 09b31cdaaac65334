-- One row: an inspector x topic over seen trials, with what was recorded beside the write-ups.
-- A write-up has measures, place, photo or recommendation if any written-up row of the trial has.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with written_up_trials as (
  select
    report_id,
    deck_id,
    topic,
    bool_or(measured) as with_measures,
    bool_or(place is not null) as with_place,
    bool_or(coalesce(photo_count, 0) > 0) as with_photo,
    bool_or(recommendation is not null) as with_recommendation
  from outcomes
  where call = 'written_up'
    /* within.sql */
  group by report_id, deck_id, topic
),
seen_trials as (
  select report_id, deck_id, topic, inspector_id, judged, call = 'written_up' as written_up
  from trials
  where seen
    /* within.sql */
)
select
  inspector_id,
  topic,
  count(*) as trials,
  count(*) filter (where written_up) as written_up,
  count(*) filter (where with_measures) as with_measures,
  count(*) filter (where with_place) as with_place,
  count(*) filter (where with_photo) as with_photo,
  count(*) filter (where with_recommendation) as with_recommendation,
  count(*) filter (where seen_trials.judged) as judged,
  count(*) filter (where seen_trials.judged) / count(*) as judged_share
from seen_trials
left join written_up_trials using (report_id, deck_id, topic)
left join topics using (topic)
group by inspector_id, topic, topics.position
order by topics.position, inspector_id
