-- One row: a topic x call x verdict before x verdict after, where the two differ: observations, and decks of a report.
-- before, after: observation_id and verdict under the rules of now and under those that are tried. Where a person looked
-- again (second_looks) the look stands, and nothing flips.
select
  topic,
  call,
  before.verdict as verdict_before,
  after.verdict as verdict_after,
  count(*) as observations,
  count(distinct (report_id, deck_id)) as decks
from recorded
inner join before using (observation_id)
inner join after using (observation_id)
anti join second_looks using (observation_id)
where before.verdict is distinct from after.verdict
group by all
order by all
