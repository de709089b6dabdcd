UPDATE outbox SET body = $2 WHERE key = $1
