-- $1 limit. Of whom nothing else is kept any more.
DELETE FROM lifters WHERE (source, person_id) IN (
    SELECT gone.source, gone.person_id FROM lifters AS gone
    WHERE NOT EXISTS (SELECT 1 FROM cases WHERE source = gone.source AND person_id = gone.person_id)
      AND NOT EXISTS (SELECT 1 FROM inbox
                      WHERE state <> 'waiting' AND source = gone.source AND person_id = gone.person_id)
      AND NOT EXISTS (SELECT 1 FROM inbox
                      WHERE state = 'waiting' AND source = gone.source AND person_id = gone.person_id)
    LIMIT $1
)
