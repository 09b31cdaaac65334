-- One row: a measure of the catalog, in the order of the parts of a deck. unit is null for kinds; choices are the
-- words of a closed list, else empty. No parameters.
select measure, title, kind, unit, position, choices
from measures
order by position
