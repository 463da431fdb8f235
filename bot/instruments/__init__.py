"""The boat's instruments: NMEA 0183 sentences to what is measured now, and the track."""
