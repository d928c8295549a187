module example.com/moistheat

go 1.26

require (
	github.com/google/go-cmp v0.7.0 // indirect
	github.com/santhosh-tekuri/jsonschema/v5 v5.3.1 // indirect
	github.com/shopspring/decimal v1.6.0 // indirect
	github.com/stretchr/testify v1.12.1 // indirect
)
