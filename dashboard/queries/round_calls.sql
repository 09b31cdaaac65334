-- One row: what one inspector called one item of a calibration round, on one topic, as loaded.
-- known_verdict: defect or acceptable; null where the truth is not known.
-- $first_day, $last_day: days on which the round was held; $topics: topics; null means no condition.
select round_id, held_on, item_id, topic, inspector_id, call, known_verdict
from rounds
where ($first_day::date is null or held_on >= $first_day::date)
  and ($last_day::date is null or held_on <= $last_day::date)
  and ($topics::varchar[] is null or list_contains($topics::varchar[], topic))
order by held_on, round_id, topic, item_id, inspector_id
