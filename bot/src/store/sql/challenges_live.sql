SELECT number, id, case_id, event_id, source, person_id, coach_person, lift, room_id, state, opened_at,
       closes_at, sealed, body, run_at, version
FROM challenges
-- $1 platform, $2 limit
WHERE state IN ('asked', 'open', 'closed') AND source = $1
ORDER BY closes_at, number
LIMIT $2
