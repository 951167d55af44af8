package findings

var peopleChecks = map[string]func(*scene){}
