-- Taken over from another list, while nobody is suppressed under the old one.
UPDATE house SET value = $1
WHERE name = 'suppression-salt' AND NOT EXISTS (SELECT 1 FROM suppressed)
