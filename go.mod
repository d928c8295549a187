module example.com/moistheat

go 1.26

require github.com/shopspring/decimal v1.6.0

// For package schema alone.
require github.com/santhosh-tekuri/jsonschema/v5 v5.3.1

// For tests.
require (
	github.com/google/go-cmp v0.7.0
	github.com/stretchr/testify v1.12.1
)

require (
	github.com/stretchr/objx v0.5.3 // indirect
	go.yaml.in/yaml/v3 v3.0.5 // indirect
)
