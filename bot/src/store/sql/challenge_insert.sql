INSERT INTO challenges
    (number, id, case_id, event_id, source, person_id, coach_person, lift, room_id, state,
     opened_at, closes_at, sealed, body, run_at, version)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, 1)
ON CONFLICT DO NOTHING
