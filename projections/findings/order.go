package findings

var orderChecks = map[string]func(*scene){}
