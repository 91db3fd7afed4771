// A button that prints the page: paper is what one takes to the vehicle.
for (const one of document.querySelectorAll("[data-print]")) one.addEventListener("click", () => print());
