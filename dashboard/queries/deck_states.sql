-- Not a query: the common table expressions `looks` and `states` (and what they are made of), put after `with` in place
-- of the comment that names this file. $most_days: visits to a deck that follow one another within so many days saw it in
-- one state.
-- states, one row: a topic x deck as it stood. known: the truth that its looks agree upon; null where there is none, or
-- they differ. inspectors: how many looked.
-- looks, one row: a verified trial (verified.sql), with the number of the state and what is known of it.
/* verified.sql */,
seen_once as (
  -- Most decks: nothing has to be put together.
  select
    report_id, deck_id, topic, inspector_id, deck_age, call, by_look, 1 as state, truth as known, 1 as inspectors
  from verified
  where not revisited
),
begun as (
  select
    *,
    case
      when inspected_on - lag(inspected_on) over (partition by topic, deck_id order by inspected_on, report_id)
        <= $most_days then 0
      else 1
    end as begins
  from verified
  where revisited
),
numbered as (
  select
    *,
    sum(begins) over (
      partition by topic, deck_id order by inspected_on, report_id rows unbounded preceding
    ) as state
  from begun
),
seen_again as (
  select
    topic,
    deck_id,
    state,
    case when min(truth) = max(truth) then min(truth) end as known,
    count(distinct inspector_id) as inspectors
  from numbered
  group by topic, deck_id, state
),
looks as (
  select report_id, deck_id, topic, inspector_id, deck_age, call, by_look, state, known
  from seen_once
  union all
  select report_id, deck_id, topic, inspector_id, deck_age, call, by_look, state, known
  from numbered
  inner join seen_again using (topic, deck_id, state)
),
states as (
  select topic, known, inspectors from seen_once
  union all
  select topic, known, inspectors from seen_again
)
