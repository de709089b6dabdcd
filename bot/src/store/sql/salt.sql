SELECT value FROM house WHERE name = 'suppression-salt'
