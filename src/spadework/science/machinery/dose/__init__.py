"""The dose on the day: buckets, flow, speed windows."""
