"""What a screen can do, in the palette: each of its keys by name, with the words of its action."""

from functools import partial

from textual.binding import Binding
from textual.command import DiscoveryHit, Hit, Hits, Provider


class ScreenCommands(Provider):
    """Offers the bindings of the screen that names it under COMMANDS."""

    def _all(self) -> list[tuple[str, str, str]]:
        found = []
        for binding in self.screen.BINDINGS:
            if isinstance(binding, Binding):
                act = getattr(self.screen, f"action_{binding.action.split('(')[0]}", None)
                about = (act.__doc__ or "").strip().split("\n")[0] if act is not None else ""
                found.append((f"{binding.description} ({binding.key.split(',')[0]})", binding.action, about))
        return found

    async def discover(self) -> Hits:
        """Offer all of them."""
        for title, action, about in self._all():
            yield DiscoveryHit(title, partial(self.screen.run_action, action), help=about)

    async def search(self, query: str) -> Hits:
        """Offer those that match."""
        matcher = self.matcher(query)
        for title, action, about in self._all():
            score = matcher.match(f"{title} {about}")
            if score > 0:
                yield Hit(score, title, partial(self.screen.run_action, action), help=about)
