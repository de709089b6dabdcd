SELECT source, person_id, display_name, zone, reminders, has_left, last_reminder, profile, version
FROM lifters
WHERE source = $1 AND person_id = $2
