-- One row: a topic with a rule x how alike the decks are (1 to 4), over seen trials of decks as asked for. alike 1: the
-- same band of age; 2: the same region too; 3: the same band of height too; 4: the same builder too.
-- found: something was written up or referred that the rule bears out. defects: judged trials with a defect;
-- passed_over: of these, missed or only advised upon.
-- deck_age, region, deck_height, builder: what is asked for, 'unknown' for a blank; null where it is no matter.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
with compared as (
  select
    *,
    $deck_age::varchar is null or deck_age = $deck_age::varchar as same_age,
    $region::varchar is null or region = $region::varchar as same_region,
    $deck_height::varchar is null or deck_height = $deck_height::varchar as same_height,
    $builder::varchar is null or builder = $builder::varchar as same_builder
  from trials
  where seen and topic in (select topic from topics where judged and built)
    /* within.sql */
),
degrees as (
  select unnest([1, 2, 3, 4]) as alike
)
select
  topic,
  alike,
  count(*) as trials,
  count(*) filter (where call = 'written_up') as written_up,
  count(*) filter (where judged) as judged,
  count(*) filter (where judged and upheld) as found,
  count(*) filter (where defect) as defects,
  count(*) filter (where defect and (missed or understated)) as passed_over,
  count(distinct deck_id) as decks
from compared
inner join degrees
  on same_age and (alike < 2 or same_region) and (alike < 3 or same_height) and (alike < 4 or same_builder)
group by topic, alike
