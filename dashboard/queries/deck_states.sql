-- Not a query: the common table expressions `looks` and `states` (and what they are made of), put after `with` in place
-- of the comment that names this file. $most_days: visits to a deck that follow one another within so many days saw it in
-- one state.
-- looks, one row: a verified trial (verified.sql) with its `state`: the deck as it stood.
-- states, one row: a topic x state. known: the truth that its looks agree upon; null where there is none, or they differ.
-- inspectors: how many looked.
/* verified.sql */,
looks as (
  select
    * exclude (begins),
    deck_id || ':' || sum(begins) over (
      partition by topic, deck_id order by inspected_on, report_id rows unbounded preceding
    ) as state
  from (
    select
      *,
      case
        when inspected_on - lag(inspected_on) over (partition by topic, deck_id order by inspected_on, report_id)
          <= $most_days then 0
        else 1
      end as begins
    from verified
  )
),
states as (
  select
    topic,
    state,
    case when min(truth) = max(truth) then min(truth) end as known,
    count(distinct inspector_id) as inspectors
  from looks
  group by topic, state
)
