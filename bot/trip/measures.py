"""What a call measures, in words with units. Pure."""

from bot.trip.call import Call


def figure(value: float) -> str:
    """Write a number without a needless point."""
    return f"{value:g}"


def measures(call: Call) -> list[str]:
    """Return each measure that was said: "58 kg", "15 kn from the sw", "2 m of sea"."""
    said = [
        (call.length_cm, "cm"), (call.weight_kg, "kg"), (call.speed_kn, "kn"),
        (call.water_c, "°C"), (call.depth_m, "m deep"), (call.drag_kg, "kg"),
    ]  # fmt: skip
    parts = [f"{figure(value)} {unit}" for value, unit in said if value is not None]
    if call.wind_kn is not None or call.wind_from:
        strength = f"{figure(call.wind_kn)} kn" if call.wind_kn is not None else "wind"
        parts.append(
            f"{strength} from the {call.wind_from.upper()}" if call.wind_from else strength
        )
    if call.sea_m is not None:
        parts.append(f"{figure(call.sea_m)} m of sea")
    if call.tagged:
        parts.append(f"tag {call.tag}" if call.tag else "tagged")
    return parts
