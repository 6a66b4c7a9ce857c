"""The application and the day's screen: they arrange panes and carry out intents."""
