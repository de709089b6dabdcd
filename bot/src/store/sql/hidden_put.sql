INSERT INTO standing_hidden (source, person_id)
VALUES ($1, $2)
ON CONFLICT DO NOTHING
