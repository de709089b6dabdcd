SELECT fence FROM outbox WHERE key = $1
