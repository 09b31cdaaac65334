-- One row: a judged observation of missing or too short hanger fasteners with verdict defect, and with the measures from
-- which it can be worked out how much of the nails is left; newest first.
-- holes_filled: as recorded, or as holes_total less holes_empty leaves them, whichever is fewer; null where the topic is
-- the length of a fastener and holes were not counted.
-- A fastener's length is known, or it is a short nail in an angled hole, or the tip of an angled one is seen in the gap.
-- $only: this observation alone; null for all. $missing, $length: the two topics. $nails: kinds of fastener whose value the equations give.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with defects as (
  select observation_id, report_id, deck_id, inspected_on, topic, call, outcome
  from outcomes
  where verdict = 'defect'
    and call <> 'not_seen'
    and topic in ($missing::varchar, $length::varchar)
    and ($only::varchar is null or observation_id = $only::varchar)
    /* within.sql */
),
measured as (
  select
    observation_id,
    holes_total,
    least(holes_filled, holes_total - holes_empty) as holes_filled,
    fastener_kind,
    fastener_position,
    fastener_length_in::double as fastener_length_in,
    coalesce(nail_tip_seen_in_gap, false) and fastener_position = 'angled' as tip_in_gap
  from observations
)
select defects.*, measured.* exclude (observation_id)
from defects
join measured using (observation_id)
where (topic = $missing::varchar and holes_total > 0 and holes_filled between 0 and holes_total)
  or (topic = $length::varchar and tip_in_gap)
  or (
    topic = $length::varchar
    and list_contains($nails::varchar[], fastener_kind)
    and (
      (fastener_position = 'angled' and (fastener_length_in is not null or fastener_kind = 'short_nail'))
      or (fastener_position = 'joist_side' and fastener_length_in is not null)
    )
  )
order by inspected_on desc, observation_id
