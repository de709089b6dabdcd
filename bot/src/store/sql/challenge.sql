SELECT number, id, case_id, event_id, source, person_id, coach_person, lift, room_id, state, opened_at,
       closes_at, sealed, body, run_at, version
FROM challenges
WHERE number = $1
