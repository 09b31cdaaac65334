-- One row: a topic of the catalog, in load-path order. has_rule is false where the topic is only counted and
-- compared, or its rule is not built yet. No parameters.
select topic, title, topic_group, position, judged, built, judged and built as has_rule, plain, habit, caution, weight
from topics
order by position
