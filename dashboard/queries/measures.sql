-- One row: a measure of the catalog, in the order of the parts of a deck. unit is null for kinds. No parameters.
select measure, title, kind, unit, position
from measures
order by position
