package findings

var exposureChecks = map[string]func(*scene){}
