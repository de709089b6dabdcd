-- $1 before, $2 limit. Who is out stays out until a coach says otherwise.
DELETE FROM strikes WHERE (source, person_id, cause_id) IN (
    SELECT source, person_id, cause_id FROM strikes
    WHERE at < $1 AND (step <> 'out' OR state = 'taken-back')
    LIMIT $2
)
