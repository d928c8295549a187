package water

const maxCelsius = 35.9
