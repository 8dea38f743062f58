export function open() {}
