INSERT INTO lifters (source, person_id, display_name, zone, reminders, has_left, last_reminder, profile, version)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, 1)
ON CONFLICT DO NOTHING
