"""Files of rows and cells, as spreadsheets, makers and loggers write them."""
