module example.com/podiatry

go 1.26

require example.com/moistheat v0.0.0

require github.com/shopspring/decimal v1.6.0 // indirect

replace example.com/moistheat => ../..
