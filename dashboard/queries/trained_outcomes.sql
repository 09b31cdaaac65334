-- One row: a seen trial (report x deck x topic), of a topic on which a session was held, that may be wrong in one of two
-- ways: a judged write-up, which may be overcalled, or a judged defect, which may be missed or only advised upon.
-- The eight filters: null means no condition; a blank region, builder or age is the text 'unknown'.
select
  inspector_id,
  topic,
  inspected_on,
  call = 'written_up' and (upheld or overcalled) as judged_write_up,
  call = 'written_up' and overcalled as overcalled,
  defect,
  defect and (missed or understated) as missed
from trials
where seen
  and ((call = 'written_up' and (upheld or overcalled)) or defect)
  and topic in (select topic from sessions)
    /* within.sql */
