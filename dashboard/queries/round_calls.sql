-- One row: what one inspector called one item of a calibration round, on one topic, as loaded.
-- known_verdict: defect or acceptable; null where the truth is not known. What the round's row says stands; where it is
-- blank, it is what the snapshot says of the observation that the row names, or, where it names none, of the observation
-- whose code in a case pack the item bears.
-- $first_day, $last_day: days on which the round was held; $topics: topics; null means no condition.
with asked as (
  select *, regexp_full_match(item_id, 'K-[0-9A-F]{10}') and observation_id is null as by_code
  from rounds
  where ($first_day::date is null or held_on >= $first_day::date)
    and ($last_day::date is null or held_on <= $last_day::date)
    and ($topics::varchar[] is null or list_contains($topics::varchar[], topic))
),

-- Codes are worked out only for topics on which some item bears one.
coded as (
  select
    topic,
    verdict,
    /* item_code.sql */
    as item_id
  from outcomes
  where topic in (select topic from asked where by_code and known_verdict is null)
),

-- A code that stands for two cases, which chance hardly makes, stands for none.
decided as (
  select topic, item_id, any_value(verdict) as verdict from coded group by topic, item_id having count(*) = 1
)

select
  asked.round_id,
  asked.held_on,
  asked.item_id,
  asked.topic,
  asked.inspector_id,
  asked.call,
  coalesce(
    asked.known_verdict,
    case when outcomes.verdict in ('defect', 'acceptable') then outcomes.verdict end,
    case when decided.verdict in ('defect', 'acceptable') then decided.verdict end
  ) as known_verdict
from asked
left join outcomes on outcomes.observation_id = asked.observation_id and outcomes.topic = asked.topic
left join decided on asked.by_code and decided.topic = asked.topic and decided.item_id = asked.item_id
order by asked.held_on, asked.round_id, asked.topic, asked.item_id, asked.inspector_id
