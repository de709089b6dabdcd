DELETE FROM outbox WHERE key = $1
