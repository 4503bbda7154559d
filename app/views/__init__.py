"""What is looked at: answers, sentence, sheet, table, reasons."""
