-- Not a query: a comment with gaps for places and numbers, put in place of the comment that names this file. Comments that
-- come out alike, in whatever case, are one stock sentence. Gaps are the row's own place, words of direction, and numbers
-- with their unit.
trim(regexp_replace(
  regexp_replace(
    regexp_replace(
      case
        when place is null then comment
        else regexp_replace(comment, '(?i)\b' || regexp_escape(place) || '\b', '…', 'g')
      end,
      '(?i)\b(north|south|east|west)(east|west)?(ern)?\b|\b(ne|nw|se|sw|left|right|front|rear|back|upper|lower|middle|far|near)\b',
      '…',
      'g'
    ),
    '(?i)[0-9½¼¾⅛⅜⅝⅞]+([.,/⁄x×''’″"-][0-9½¼¾⅛⅜⅝⅞]+)*(\s*(mm|cm|in\b\.?|inch(es)?\b|ft\b\.?|feet\b|foot\b|["”″''’′%]))?',
    '…',
    'g'
  ),
  '…([\s,/-]*…)+',
  '…',
  'g'
))
