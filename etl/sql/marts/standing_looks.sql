-- An observation that a person looked at again, with the look that stands: the newest; of several on one day one after
-- a dispute, then a targeted, then a random one, then by the code of who looked, so that the order of loading decides
-- nothing. outcome: what its call and the ruling make (outcome_of: the vocabulary's table). told: what the outcome's
-- reason says of it, without the person. looked: how the observation came to be looked at, the first of random, targeted,
-- dispute among all its looks: one of a random draw stays one when it is disputed later.
create or replace table standing_looks as
with ordered as (
    select
        report_id, observation_no, looked_on, chosen, ruling, reason,
        ['random', 'targeted', 'dispute'][
            min(case chosen when 'random' then 1 when 'targeted' then 2 else 3 end) over observation
        ] as looked,
        row_number() over (
            observation order by
                looked_on desc,
                case chosen when 'dispute' then 1 when 'targeted' then 2 else 3 end,
                looked_by
        ) as newest
    from second_looks
    window observation as (partition by report_id, observation_no)
)
select
    recorded.observation_id, recorded.report_id, recorded.deck_id, recorded.topic,
    looked_on, chosen, ruling, looked,
    coalesce(outcome_of.outcome, 'not_seen') as outcome,
    'A person looked again ('
    || case chosen when 'random' then 'random look' when 'targeted' then 'targeted look' else 'look after a dispute' end
    || strftime(looked_on, ', %-d %b %Y): ')
    || case ruling when 'defect' then 'a defect' when 'acceptable' then 'acceptable' else 'cannot be told' end
    || '.' || coalesce(' ' || ordered.reason, '') as told
from ordered
inner join recorded using (report_id, observation_no)
left join outcome_of on recorded.call = outcome_of.call and ordered.ruling = outcome_of.verdict
where newest = 1
